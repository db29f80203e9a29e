"""What a scene can be made of: one file a kind. ``_contract.py`` says what a kind is; files that begin with ``_`` are no kinds."""
