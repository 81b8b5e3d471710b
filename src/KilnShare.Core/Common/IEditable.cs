using NodaTime;

namespace KilnShare.Core.Common;

/// <summary>Something people edit; its version lets an edit made from an old copy be told apart.</summary>
public interface IEditable
{
    /// <summary>Raised by every edit.</summary>
    long Version { get; set; }
}

/// <summary>Something that can be put away without being forgotten.</summary>
public interface IArchivable : IEditable
{
    /// <summary>From when it is no longer used; null while it is.</summary>
    Instant? ArchivedAt { get; set; }
}
