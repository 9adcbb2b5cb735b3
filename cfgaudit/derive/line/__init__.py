"""Serial lines: what each must carry, and what it can."""
