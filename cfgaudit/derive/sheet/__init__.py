"""A first build sheet from a dump: what the dump says of the hardware, to be held against it."""
