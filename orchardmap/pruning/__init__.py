"""What the trees need: ready-made briefs, points, cautions. Pure: values in, values out; no file, clock, or random source."""
