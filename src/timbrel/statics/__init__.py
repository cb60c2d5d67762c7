"""What stands and what carries it: actions, thrust line, strut net, stages, supports."""
