"""One file a feature, found by looking. Each defines ``register(server)``, called once the client is known."""
