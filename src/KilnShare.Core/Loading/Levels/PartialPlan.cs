using KilnShare.Core.Loading.Shelves;

namespace KilnShare.Core.Loading.Levels;

/// <summary>Levels from the lowest up, with the ware that waits.</summary>
internal sealed class PartialPlan(Layout layout, List<Level> levels, ItemPool pool, KeptBase? kept = null)
{
    /// <summary>What stays below; null where the plan begins on the floor.</summary>
    public KeptBase? Kept { get; } = kept;

    public Layout Layout { get; } = layout;

    public List<Level> Levels { get; } = levels;

    public ItemPool Pool { get; } = pool;

    public long Value => Levels.Sum(l => l.Value) + (Kept?.Trays.Sum(t => t.Value) ?? 0);

    public PartialPlan Copy() => new(Layout, [.. Levels.Select(l => l.Copy())], Pool.Copy(), Kept?.Copy());
}
