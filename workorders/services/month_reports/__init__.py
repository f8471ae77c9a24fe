"""The monthly report: asked for, made in the background, made by itself, mailed."""
