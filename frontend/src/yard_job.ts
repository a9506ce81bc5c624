import "./yard/job/main";
