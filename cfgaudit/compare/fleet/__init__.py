"""Many craft: one job and one small record each, and who differs from most of its kind."""
