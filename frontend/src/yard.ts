import "./yard/page";
