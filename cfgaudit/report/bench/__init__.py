"""Bench lists, for the terminal and as Markdown."""
