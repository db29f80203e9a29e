"""World -> Motion: a run recorded once as arrays, to be looked at many times."""
