"""What the readings are like: their noise, rounding, repeats and gaps."""
