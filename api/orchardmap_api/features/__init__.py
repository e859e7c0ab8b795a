"""OGC API - Features (OGC 17-069r4): what a request asks, and the documents that it is answered with. No store, no clock."""
