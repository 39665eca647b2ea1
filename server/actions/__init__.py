"""One file a kind of code action, found by looking. Each defines ``KIND`` and ``actions(ask)``, which may take a while."""
