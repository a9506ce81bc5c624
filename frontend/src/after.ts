// The pages after a job: what is typed there waits on the device where there is no signal.
import "./after/waiting";
