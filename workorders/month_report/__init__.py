"""What a plant's month was like: figures, and which differences are more than chance. Pure."""
