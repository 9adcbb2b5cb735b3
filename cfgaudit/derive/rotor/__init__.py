"""Rotors: how long their signal takes, how fast they turn, and what the filters follow."""
