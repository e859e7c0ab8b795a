"""From an outline to rows and positions. Pure: values in, values out; no file, clock, or random source."""
