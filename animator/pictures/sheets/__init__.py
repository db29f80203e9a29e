"""Storyboard sheets: their paper and scale, how panels share it, and what each part of a sheet shows."""
