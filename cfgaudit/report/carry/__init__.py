"""A firmware update, told: what becomes of what, the script, what arrived."""
