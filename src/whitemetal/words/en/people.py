"""What accounts, sessions and signatures say."""

MESSAGES: dict[str, str] = {
    "key_expected": "an Ed25519 public key: 32 bytes in base64, PEM, or the line of an OpenSSH key",
    "password_length": "a password of {least} to {most} characters",
    "password_guessed": "a password that is harder to guess: not your name, not one known word with a little around it, not a run of keys",
}
