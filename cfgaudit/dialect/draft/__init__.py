"""A draft dialect from one dump: what its lines look like, and what a build sheet says they mean."""
