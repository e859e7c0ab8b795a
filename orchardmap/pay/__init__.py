"""What the work is worth: trees credited, rates, shares, floor. Pure: values in, values out. Local labour law decides."""
