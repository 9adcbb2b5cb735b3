"""Baselines, told: drift, history, listings for git."""
