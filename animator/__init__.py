"""A maker's description of a moving figure goes in; a truthful moving preview comes out."""
