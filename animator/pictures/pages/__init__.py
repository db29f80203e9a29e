"""Pages of a film: each draws itself at any moment of the motion."""
