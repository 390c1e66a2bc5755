"""What the openings of a bearing say together: wear, and when to open it next."""
