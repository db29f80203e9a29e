"""Scene text -> Scene."""
