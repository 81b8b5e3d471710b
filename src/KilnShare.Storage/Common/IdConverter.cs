using KilnShare.Core.Common;
using Microsoft.EntityFrameworkCore.Storage.ValueConversion;

namespace KilnShare.Storage.Common;

/// <summary>An identity as a uuid column.</summary>
internal sealed class IdConverter<T>() : ValueConverter<Id<T>, Guid>(id => id.Value, value => new Id<T>(value));
