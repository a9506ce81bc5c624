import "./yard/begin";
import "./yard/page";
