"""Files for systems that cannot ask (pure): their names, their columns, when they are due."""
