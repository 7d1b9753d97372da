"""Heat spots of a job: the plan, what each takes, when the bar is cold again."""
