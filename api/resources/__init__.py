"""One file a resource; each ends in a ``router``, and ``vouchbook.api.app`` lists them."""
