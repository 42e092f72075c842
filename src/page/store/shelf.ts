/** A machine kept in the browser. */
export interface Kept {
  readonly id: string;
  readonly name: string;
  readonly fileName: string;
  readonly text: string;
  /** ISO 8601. */
  readonly changed: string;
}

const CURRENT = 'ampwright machine';
let opened: Promise<IDBDatabase> | undefined;

function database(): Promise<IDBDatabase> {
  opened ??= new Promise((done, fail) => {
    const request = indexedDB.open('ampwright', 1);
    request.onupgradeneeded = () => request.result.createObjectStore('machines', { keyPath: 'id' });
    request.onsuccess = () => done(request.result);
    request.onerror = () => fail(request.error ?? new Error('the storage of the browser cannot be opened'));
  });
  return opened;
}

async function store<T>(mode: IDBTransactionMode, run: (machines: IDBObjectStore) => IDBRequest<T>): Promise<T> {
  const machines = (await database()).transaction('machines', mode).objectStore('machines');
  return new Promise((done, fail) => {
    const request = run(machines);
    request.onsuccess = () => done(request.result);
    request.onerror = () => fail(request.error ?? new Error('the storage of the browser cannot be used'));
  });
}

export async function keptMachines(): Promise<readonly Kept[]> {
  const all = await store('readonly', (machines) => machines.getAll() as IDBRequest<Kept[]>);
  return all.sort((a, b) => b.changed.localeCompare(a.changed));
}

export function keptMachine(id: string): Promise<Kept | undefined> {
  return store('readonly', (machines) => machines.get(id) as IDBRequest<Kept | undefined>);
}

export async function keepMachine(kept: Kept): Promise<void> {
  await store('readwrite', (machines) => machines.put(kept));
}

export async function dropMachine(id: string): Promise<void> {
  await store('readwrite', (machines) => machines.delete(id));
}

/** Which machine the page shows when it is opened again. */
export function currentId(): string | undefined {
  try {
    return localStorage.getItem(CURRENT) ?? undefined;
  } catch {
    return undefined;
  }
}

export function setCurrentId(id: string): void {
  try {
    localStorage.setItem(CURRENT, id);
  } catch {
    // A browser that keeps nothing still shows the machine.
  }
}
