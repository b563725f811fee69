import './sections.css';

interface Props<Id extends string> {
  readonly label: string;
  readonly sections: readonly { readonly id: Id; readonly name: string; readonly href: string }[];
  readonly here: Id;
}

/** The parts of a place, as words of its head. */
export function SectionNav<Id extends string>({ label, sections, here }: Props<Id>) {
  return (
    <nav className="sections no-print" aria-label={label}>
      {sections.map((section) => (
        <a key={section.id} href={section.href} {...(section.id === here ? { 'aria-current': 'page' as const } : {})}>
          {section.name}
        </a>
      ))}
    </nav>
  );
}
