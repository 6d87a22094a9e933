"""Questions of quality and auditors that a few fields ask: a form, and below it what the records say."""
