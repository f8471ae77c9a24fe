"""Job sheets and packs of them."""
