// Bundled for a browser by tests/office/test_drawer.py: the queue with the browser's own database.
import { BrowserDrawer, openDatabase } from "../src/offline/drawer";
import { Queue, type Post } from "../src/offline/queue";

declare global {
  interface Window {
    made: (answer: "lost" | "applied") => Promise<{ queue: Queue; drawer: BrowserDrawer }>;
  }
}

window.made = async (answer) => {
  const drawer = new BrowserDrawer(await openDatabase());
  const post: Post = async (_job, operations) => {
    if (answer === "lost") throw new Error("no network");
    return operations.map(({ id }) => ({ id, state: "applied", revision: 1 }));
  };
  return { queue: new Queue(drawer, post), drawer };
};
