using KilnShare.Core.Loading.Shelves;

namespace KilnShare.Core.Loading.Levels;

/// <summary>A deck in its place with the ware on it.</summary>
internal sealed class Level(Deck deck, IReadOnlyList<Tray> trays, bool carriesPosts)
{
    public Deck Deck { get; } = deck;

    /// <summary>One for each seat of the deck, then one for each half level.</summary>
    public IReadOnlyList<Tray> Trays { get; } = trays;

    /// <summary>True when room was left for posts, so that another level may stand above.</summary>
    public bool CarriesPosts { get; } = carriesPosts;

    public long Value => Trays.Sum(t => t.Value);

    /// <summary>Shelves over part of this deck; only on the uppermost level.</summary>
    public IReadOnlyList<HalfLevel> Halves { get; init; } = [];

    /// <summary>Posts under the deck beyond the usual three; half shelves load it on one side.</summary>
    public IReadOnlyList<Axis> MoreAxes { get; init; } = [];

    /// <summary>The level's number in the start plan; null when it was built since.</summary>
    public int? Origin { get; init; }

    /// <summary>Top of the highest ware over the deck's upper face, µm.</summary>
    public long Tallest
    {
        get
        {
            long tallest = 0;
            for (var t = 0; t < Trays.Count; t++) tallest = Math.Max(tallest, Trays[t].Tallest + OffsetOf(t));
            return tallest;
        }
    }

    /// <summary>Upper face of a tray's shelf over the deck's, µm.</summary>
    public long OffsetOf(int tray) => tray < Deck.Seats.Count ? 0 : Halves[tray - Deck.Seats.Count].ShelfTop;

    /// <summary>The same with another clear height over each shelf, which must not be less than the ware needs.</summary>
    public Level Under(long clearHeight) =>
        Trays.All(t => t.Space.Height == clearHeight) ? this : With([.. Trays.Select(t => t.Under(clearHeight))]);

    public Level Copy() => With([.. Trays.Select(t => t.Copy())]);

    private Level With(IReadOnlyList<Tray> other) => new(Deck, other, CarriesPosts) { Halves = Halves, MoreAxes = MoreAxes, Origin = Origin };
}
