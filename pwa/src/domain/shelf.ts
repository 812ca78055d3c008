/** Things that are costly to make and to hold: made once for all who use them, dropped when the shelf is full and nobody does. */

interface Place<T> {
  making: Promise<T | null>;
  thing: T | null;
  users: number;
}

export class Shelf<T> {
  // A map keeps the order of putting in: the first is what nobody has asked for the longest.
  private readonly places = new Map<string, Place<T>>();

  constructor(
    private readonly most: number,
    private readonly drop: (thing: T) => void,
  ) {}

  get size(): number {
    return this.places.size;
  }

  /** Take a thing into use, made if it is not there; null, and nothing to give back, when there is nothing of that name. */
  async take(name: string, make: () => Promise<T | null>): Promise<T | null> {
    let place = this.places.get(name);
    if (place) this.places.delete(name);
    else place = { making: make(), thing: null, users: 0 };
    this.places.set(name, place);
    place.users += 1;
    try {
      place.thing = await place.making;
    } catch (fault) {
      this.forget(name, place);
      throw fault;
    }
    if (place.thing === null) this.forget(name, place);
    this.tidy();
    return place.thing;
  }

  giveBack(name: string): void {
    const place = this.places.get(name);
    if (!place) return;
    place.users -= 1;
    this.tidy();
  }

  private forget(name: string, place: Place<T>): void {
    if (this.places.get(name) === place) this.places.delete(name);
  }

  private tidy(): void {
    for (const [name, place] of this.places) {
      if (this.places.size <= this.most) return;
      if (place.users > 0 || place.thing === null) continue;
      this.places.delete(name);
      this.drop(place.thing);
    }
  }
}
