"""Knowledge as one text that goes from plant to plant: written, read strictly, checked, merged."""
