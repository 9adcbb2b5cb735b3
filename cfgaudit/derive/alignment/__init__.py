"""Alignment: how the board is mounted, and how the firmware believes it is."""
