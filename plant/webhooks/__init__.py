"""What webhooks go by, without Django: addresses, networks, signatures, answers, pauses."""
