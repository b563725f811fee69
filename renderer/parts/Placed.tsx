/** A name with where it lies below, for tables that have no room for both side by side. */
export const Placed = ({ name, place }: { readonly name: string; readonly place: string }) => (
  <span className="two-lines" title={`${name}, ${place}`}>
    <span className="strong">{name}</span>
    <br />
    <span className="second">{place}</span>
  </span>
);
