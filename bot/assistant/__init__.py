"""One happening in; facts kept and answers put out, in one transaction. The one entrance is desk.handle."""
