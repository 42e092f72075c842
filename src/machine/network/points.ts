/** Names of the electrical points of a machine, some of which are one. */
export class Points {
  private readonly aliases = new Map<string, string>();

  merge(point: string, into: string): void {
    const from = this.rootOf(point);
    const to = this.rootOf(into);
    if (from !== to) this.aliases.set(from, to);
  }

  rootOf(point: string): string {
    let root = point;
    for (let next = this.aliases.get(root); next !== undefined; next = this.aliases.get(root)) root = next;
    return root;
  }
}
