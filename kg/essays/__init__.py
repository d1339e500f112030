"""Essays whose every sentence can be held to account: text, drafts, audit, print."""
