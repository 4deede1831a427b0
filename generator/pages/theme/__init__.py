"""The MkDocs theme `limberleaf`: the same documents as the plain site, and a plain frame for pages beside them."""
