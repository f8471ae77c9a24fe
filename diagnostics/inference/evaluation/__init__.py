"""How often the engine is right, on cases whose causes are known; pure."""
