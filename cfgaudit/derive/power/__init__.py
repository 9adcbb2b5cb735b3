"""Power: what the pack, its plug and wire, the ESC and the board's rails must give, and what they can."""
