"""An invented farm in the middle of an invented season, made through the same use cases as a real one."""
