"""A preset, told: before it is typed, and after."""
