"""The flight log: what it writes, and what its device can take."""
