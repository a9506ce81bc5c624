// Where operations wait: a database in the browser, or memory in tests.
import { openDB, type DBSchema, type IDBPDatabase } from "idb";
import type { Kept } from "./operation";
import { tellOthers } from "./others";

/** A place that keeps operations by id. */
export interface Drawer {
  /** All operations of a job, in the order of typing. */
  of(job: string): Promise<Kept[]>;
  jobs(): Promise<string[]>;
  /** Put it in with the next place in the order, unless its id is known. */
  add(operation: Omit<Kept, "order">): Promise<void>;
  /** Replace an operation that is there; one that is not is not brought back. */
  mark(operation: Kept): Promise<void>;
  drop(id: string): Promise<void>;
}

interface Schema extends DBSchema {
  operations: { key: number; value: Omit<Kept, "order"> & { order?: number }; indexes: { job: string; id: string } };
  sheets: { key: string; value: unknown };
}

export type Database = IDBPDatabase<Schema>;

export function openDatabase(): Promise<Database> {
  return openDB<Schema>("drainwright", 1, {
    upgrade(db) {
      const operations = db.createObjectStore("operations", { keyPath: "order", autoIncrement: true });
      operations.createIndex("job", "job");
      operations.createIndex("id", "id", { unique: true });
      db.createObjectStore("sheets");
    },
  });
}

/** The drawer in the browser. Every change is one transaction, written through before it is told done. */
export class BrowserDrawer implements Drawer {
  constructor(private readonly db: Database) {}

  async of(job: string): Promise<Kept[]> {
    return (await this.db.getAllFromIndex("operations", "job", job)) as Kept[];
  }

  async jobs(): Promise<string[]> {
    const all = await this.db.getAll("operations");
    return [...new Set(all.map((one) => one.job))];
  }

  async add(operation: Omit<Kept, "order">): Promise<void> {
    const change = this.db.transaction("operations", "readwrite", { durability: "strict" });
    if ((await change.store.index("id").getKey(operation.id)) === undefined) await change.store.add(operation);
    await change.done;
    tellOthers();
  }

  async mark(operation: Kept): Promise<void> {
    const change = this.db.transaction("operations", "readwrite", { durability: "strict" });
    if ((await change.store.getKey(operation.order)) !== undefined) await change.store.put(operation);
    await change.done;
    tellOthers();
  }

  async drop(id: string): Promise<void> {
    const change = this.db.transaction("operations", "readwrite", { durability: "strict" });
    const key = await change.store.index("id").getKey(id);
    if (key !== undefined) await change.store.delete(key);
    await change.done;
    tellOthers();
  }
}

/** A drawer that forgets when the page closes. */
export class MemoryDrawer implements Drawer {
  private readonly kept = new Map<string, Kept>();
  private last = 0;

  async of(job: string): Promise<Kept[]> {
    return [...this.kept.values()].filter((one) => one.job === job).sort((a, b) => a.order - b.order);
  }

  async jobs(): Promise<string[]> {
    return [...new Set([...this.kept.values()].map((one) => one.job))];
  }

  async add(operation: Omit<Kept, "order">): Promise<void> {
    if (!this.kept.has(operation.id)) this.kept.set(operation.id, { ...operation, order: ++this.last });
  }

  async mark(operation: Kept): Promise<void> {
    if (this.kept.has(operation.id)) this.kept.set(operation.id, operation);
  }

  async drop(id: string): Promise<void> {
    this.kept.delete(id);
  }
}
