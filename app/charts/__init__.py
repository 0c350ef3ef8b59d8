"""Charts that draw what they are given and think nothing: SI in, the user's unit on the axes."""
