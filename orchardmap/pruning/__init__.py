"""What to cut and what to leave. Pure: values in, values out; no file, clock, or random source."""
