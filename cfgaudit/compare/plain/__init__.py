"""Settings whose firmware nobody knows, compared by the names and leading cells of their lines."""
