"""Many craft, told."""
