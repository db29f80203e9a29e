"""Scene -> World: bodies, joints, contacts and drives, and the loop that runs them."""
