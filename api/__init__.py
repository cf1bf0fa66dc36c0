"""The library over HTTP: one file a resource, problems by RFC 9457, everything else as the library says."""
