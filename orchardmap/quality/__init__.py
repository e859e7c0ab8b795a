"""How well: sampling plans and verdicts. Pure: values in, values out."""
