"""The stages of building: what stands, on what bond, with what on it."""
