"""Sources weighed: who follows whom, how many independent witnesses a claim has, and what falls if a source falls."""
