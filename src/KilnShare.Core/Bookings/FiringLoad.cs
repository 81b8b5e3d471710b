using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Studios;

namespace KilnShare.Core.Bookings;

/// <summary>What bookers contend on, one row a firing: the version of its published plan, and what can be counted.</summary>
public sealed class FiringLoad(Id<Studio> studioId, Id<Firing> firingId, decimal? massLimitG)
{
    /// <summary>The studio.</summary>
    public Id<Studio> StudioId { get; private set; } = studioId;

    /// <summary>The firing.</summary>
    public Id<Firing> FiringId { get; private set; } = firingId;

    /// <summary>Raised by every published plan.</summary>
    public long LoadVersion { get; private set; }

    /// <summary>True while bookings are taken.</summary>
    public bool Accepting { get; set; }

    /// <summary>Mass of the confirmed copies, g.</summary>
    public decimal BookedMassG { get; private set; }

    /// <summary>Greatest mass, g; null: no limit.</summary>
    public decimal? MassLimitG { get; private set; } = massLimitG;
}

/// <summary>A shelf of the published plan.</summary>
public sealed class PlanShelf(Id<Studio> studioId, Id<Firing> firingId, int shelfNo, string shelfId, long x, long y, int rotationThousandths, long top)
{
    /// <summary>The studio.</summary>
    public Id<Studio> StudioId { get; private set; } = studioId;

    /// <summary>The firing.</summary>
    public Id<Firing> FiringId { get; private set; } = firingId;

    /// <summary>Its number, from the lowest.</summary>
    public int ShelfNo { get; private set; } = shelfNo;

    /// <summary>Its kind.</summary>
    public string ShelfId { get; private set; } = shelfId;

    /// <summary>µm.</summary>
    public long X { get; private set; } = x;

    /// <summary>µm.</summary>
    public long Y { get; private set; } = y;

    /// <summary>Thousandths of a degree.</summary>
    public int RotationThousandths { get; private set; } = rotationThousandths;

    /// <summary>Upper face over the floor, µm.</summary>
    public long Top { get; private set; } = top;

    /// <summary>Clear height over it, µm.</summary>
    public long ClearAbove { get; init; }

    /// <summary>Part of its area in use.</summary>
    public decimal AreaUse { get; init; }
}

/// <summary>A post of the published plan.</summary>
public sealed class PlanPost(Id<Studio> studioId, Id<Firing> firingId, int postNo, long x, long y, long from, long to)
{
    /// <summary>The studio.</summary>
    public Id<Studio> StudioId { get; private set; } = studioId;

    /// <summary>The firing.</summary>
    public Id<Firing> FiringId { get; private set; } = firingId;

    /// <summary>Its number.</summary>
    public int PostNo { get; private set; } = postNo;

    /// <summary>µm.</summary>
    public long X { get; private set; } = x;

    /// <summary>µm.</summary>
    public long Y { get; private set; } = y;

    /// <summary>Foot over the floor, µm.</summary>
    public long From { get; private set; } = from;

    /// <summary>Head over the floor, µm.</summary>
    public long To { get; private set; } = to;

    /// <summary>Lengths it is made of, µm.</summary>
    public long[] Heights { get; init; } = [];

    /// <summary>Shelf under its foot; null the floor.</summary>
    public int? StandsOn { get; init; }

    /// <summary>Shelves on it.</summary>
    public int[] Carries { get; init; } = [];
}
