"""Pages: server-rendered, without script. A page parses, calls one service or selector, and answers."""
