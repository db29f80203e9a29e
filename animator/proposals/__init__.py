"""A piece as a maker lays it before a client: one page to open or to print, everything on it taken from the recorded run."""
