"""Which face is towards the maker: posts, crossings, raised stitches, turns and joins."""
