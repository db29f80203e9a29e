"""Screens: films and pieces shown in a window, and a handle that whoever stands before it can turn.

    scene or film -> pictures at the right moment -> window;  hand -> world stepped live -> poses -> the same drawing

The window's library has its home here.
"""
