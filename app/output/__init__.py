"""What the commands say: lines for people, JSON for other programs."""
