"""Pages about one kind of thing of quality: holds, cases, investigations, findings, balances."""
