"""The video link: its frequency by channel, the band that it takes, and the general rules for it."""
