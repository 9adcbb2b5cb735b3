"""A firmware update: what the builder had changed, and what becomes of it in the new firmware."""
