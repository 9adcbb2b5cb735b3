"""Codecs: how one cell of a dump and one value of the model become each other."""
