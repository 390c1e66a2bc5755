"""What a damaged bearing looks like, what may have done it, and what to check next."""
