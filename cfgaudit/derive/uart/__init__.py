"""Serial clocks: the rates that a chip's dividers really make."""
