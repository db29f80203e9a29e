"""Artwork files -> outlines, paints and named points: what a maker has drawn, ready to be cut out, weighed and painted."""
