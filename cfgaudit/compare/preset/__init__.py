"""A preset: lines that somebody else wrote, typed on top of a configuration."""
