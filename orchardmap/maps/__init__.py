"""The legend, and the map drawn by it."""
