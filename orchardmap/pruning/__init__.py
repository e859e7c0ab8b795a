"""What to do: briefs and what they rest on. Pure: values in, values out; no file, clock, or random source."""
