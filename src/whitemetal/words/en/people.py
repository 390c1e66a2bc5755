"""What accounts, sessions and signatures say."""

MESSAGES: dict[str, str] = {
    "key_expected": "an Ed25519 public key: 32 bytes in base64, PEM, or the line of an OpenSSH key",
    "password_length": "a password of {least} to {most} characters",
    "password_guessed": "a password that is harder to guess: not your name, not one known word with a little around it, not a run of keys",
    "password_wrong": "your password",
    "name_expected": "a name of 1 to 120 letters",
    "name_taken": "a name that nobody has here yet",
    "roles_expected": "one or more of: look, fit, check, engineer, keeper",
    "last_keeper": "another keeper first: nobody else keeps the accounts",
    "title_expected": "a few words for what the token is used for",
    "scope_expected": "look, or look and write; no more than its owner may do",
    "days_expected": "a number of days from 1 to {most}",
    "code_expected": "the name and the code as they were given to you; a code is good once and for three days",
    "not_first": "to sign in: the first account is there already",
    "no_account": "somebody who has an account here",
    "is_closed": "an account that is open",
    "name_or_password": "the name and the password of an account; one of them is wrong",
    "wait": "to wait: too many wrong tries; the next one is looked at in {seconds} s",
    "somebody": "somebody not signed in",
    "at_terminal": "at the terminal",
    "sign_this": "the signature, in base64, of these bytes (in base64) by your own key: {text}",
}
