// Does nothing. The check page registers it to see whether this browser lets it, and takes it away again.
self.addEventListener("install", () => self.skipWaiting());
